{#-
    One scan that says of a table: the key is unique and never null, required columns are never null, coded columns hold
    known codes, every number is finite (all columns that the yml declares as double). Returns one row of plain words, or none.
-#}
{% test sound(model, key, required=[], allowed={}) %}
    {%- set node = graph.nodes.get('model.' ~ project_name ~ '.' ~ model.identifier, {}) -%}
    {%- set numbers = [] -%}
    {%- for column in node.get('columns', {}).values() if column.data_type == 'double' -%}
        {%- do numbers.append(column.name) -%}
    {%- endfor -%}
    select '{{ model.identifier }}: ' || problems as problems
    from (
        select
            concat_ws(
                '; ',
                {{ complaint('count(*) - (select count(*) from (select distinct ' ~ key | join(', ') ~ ' from ' ~ model ~ '))',
                    'repeat the key ' ~ key | join(', ')) }}
                {%- for column in key + required %},
                {{ complaint('count(*) - count(' ~ column ~ ')', 'have no ' ~ column) }}
                {%- endfor %}
                {%- for column, codes in allowed.items() %},
                {{ complaint('count(case when ' ~ column ~ " not in ('" ~ codes | join("', '") ~ "') then 1 end)",
                    'have an unknown ' ~ column) }}
                {%- endfor %}
                {%- for column in numbers %},
                {{ complaint('count(case when abs(' ~ column ~ ') > 1e300 then 1 end)', 'have no finite ' ~ column) }}
                {%- endfor %}
            ) as problems
        from {{ model }}
    ) as counted
    where problems <> ''
{% endtest %}
